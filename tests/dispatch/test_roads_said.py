"""What is wrong with distances is said in messages: whoever reads another language reads it in that."""

from __future__ import annotations

from pathlib import Path

import pytest

from fuelplan.dispatch.roads.sources import (
    RoadFileFaults,
    RoadServiceError,
    TableService,
    read_matrix,
    roads_from_service,
)
from fuelplan.messages import Message, as_message, render, strict
from tests.pseudo_language import outside, speak_pseudo

FILES = (
    "from,to,km,minutes\nA,B,12 km,18\nA,C,-3,4\nA,B,12,18\n,C,1,2\nA,A,4,2\nB,C,100,1.5\nB,D,7\n"
    "C,D,5,\nC,B,8,9\n",
    "km,A,,B,B\nA,0,1,2,1\nB,1,0\nX,1,2,3,4\nA,0,x,4,1\n",
    "km,A,B\nA,0,1\n",
    "",
    "from,to\nA,B\n",
    "from,to,km,hours\nA,B,1,1\n",
    "hello\nworld\n",
    "from,to,km\n" + "".join(f"A,P{i},x\n" for i in range(1_500)),
)
ADDRESSES = ("http://", "http://a:b@127.0.0.1", "http://127.0.0.1/?q=1", "http://127.0.0.1:1")


def faults(folder: Path) -> list[Message]:
    """Everything that is wrong with the files and addresses above."""
    found = []
    for text in FILES:
        (folder / "roads.csv").write_text(text)
        with pytest.raises(RoadFileFaults) as caught:
            read_matrix(folder / "roads.csv")
        found += [as_message(fault.said) for fault in caught.value.faults]
    for address in ADDRESSES:
        with pytest.raises(RoadServiceError) as refused:
            roads_from_service(TableService(address), [47.0, 47.1], [9.0, 9.1], folder / "store")
        found.append(refused.value.said)
    return found


def test_faults_of_distances_are_read_in_the_language_of_their_reader(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No word of a file's fault or a service's refusal stays English, but what the system itself says."""
    with strict():
        said = faults(tmp_path)
    assert len({one.code for one in said}) > 20
    pseudo = speak_pseudo(monkeypatch, tmp_path / "catalogues")
    assert {outside(render(one, pseudo)) for one in said} == {""}
