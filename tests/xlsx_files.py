"""Spreadsheet files made by hand, as programs write them."""

import io
import zipfile


def xlsx(sheet: str, shared: str = "", compress: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A spreadsheet file as programs write it, with the parts that matter."""
    main = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", compress) as made:
        made.writestr("xl/sharedStrings.xml", f"<sst {main}>{shared}</sst>")
        made.writestr(
            "xl/worksheets/sheet1.xml", f"<worksheet {main}><sheetData>{sheet}</sheetData></worksheet>"
        )
    return stream.getvalue()
