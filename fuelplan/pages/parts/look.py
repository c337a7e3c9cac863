"""The look of the pages: colours, the line at the top and at the bottom, and the style of our own pieces."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from streamlit.navigation.page import Page

from fuelplan.charts import Palette, palette_for
from fuelplan.pages.parts import pieces
from fuelplan.pages.texts import common as texts

# A store in section: two slopes, a fill line. Written here, so that no file and no request is needed.
PAGE_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<path d="M3 3h26v14l-9 12h-8L3 17z" fill="#14606B"/>'
    '<path d="M3 3h26v8H3z" fill="#C9D4D5"/></svg>'
)


def palette() -> Palette:
    """Return the colours of the theme that the person looks at."""
    return palette_for(st.context.theme.type)


def apply() -> None:
    """Put the style of our own pieces into the page."""
    st.html(f"<style>{_variables(palette())}{_STYLE}</style>")


def masthead(pages: Sequence[Page]) -> None:
    """Show the name and the ways in."""
    with st.container(key="masthead", horizontal=True, vertical_alignment="center", gap="medium"):
        st.html(f'<span class="fp-name">{texts.NAME}</span>', width="content")
        for page in pages:
            st.page_link(page, label=page.title)


def footer() -> None:
    """Show what holds for every page."""
    pieces.foot(texts.FOOTER)


def _variables(colours: Palette) -> str:
    pairs = "".join(f"--fp-{name}:{value};" for name, value in vars(colours).items())
    return f":root{{{pairs}}}"


_STYLE = """
.stMainBlockContainer{max-width:68rem;margin-left:auto;margin-right:auto}
.st-key-masthead{border-bottom:2px solid var(--fp-ink);padding-bottom:.35rem;margin-bottom:.6rem}
.fp-name{font-weight:700;font-size:1.15rem;white-space:nowrap}
.fp-name::before{content:"";display:inline-block;width:.72em;height:.72em;margin-right:.4em;
 background:linear-gradient(to top,var(--fp-spruce) 62%,transparent 62%);border:2px solid var(--fp-spruce);
 clip-path:polygon(0 0,100% 0,100% 55%,68% 100%,32% 100%,0 55%)}
.fp-kicker{color:var(--fp-faint);font-size:1rem;margin:0}
.fp-answer{font-family:"Source Serif",Georgia,serif;font-size:clamp(1.75rem,4.6vw,2.7rem);line-height:1.18;
 font-weight:600;margin:.1rem 0 .5rem;text-wrap:balance;max-width:24em}
.fp-short{font-family:"Source Serif",Georgia,serif;font-size:1.6rem;line-height:1.25;margin:.1rem 0;
 color:var(--fp-spruce);text-wrap:balance}
[class*="st-key-way-"]{background:var(--fp-panel);border-left:.5rem solid var(--fp-spruce);
 padding:1.1rem 1.4rem;gap:.45rem}
[class*="st-key-way-"] h3{padding:0 0 .5rem}
[class*="st-key-way-"] [data-testid="stPageLink"] a{padding-left:0;text-decoration:underline;
 text-underline-offset:.25em;text-decoration-color:var(--fp-spruce);background:none}
.fp-say{font-size:1.15rem;line-height:1.5;max-width:44em;margin:0 0 .4rem}
dl.fp-facts{display:grid;grid-template-columns:repeat(3,1fr);gap:0 2rem;margin:.6rem 0 0;padding:0;
 border-top:2px solid var(--fp-line)}
.fp-facts div{padding:.7rem 0 .6rem;border-bottom:1px solid var(--fp-line)}
.fp-facts dt{color:var(--fp-faint);font-size:.95rem;margin:0}
.fp-facts dd{margin:0;padding:0;font-size:1.3rem;font-weight:600;line-height:1.25}
.fp-facts dd small{display:block;font-size:.9rem;font-weight:400;color:var(--fp-faint);margin-top:.15rem}
.fp-table-box{overflow-x:auto}
.fp-table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
.fp-table th,.fp-table td{text-align:left;padding:.42rem 1.1rem .42rem 0;vertical-align:top;
 border-bottom:1px solid var(--fp-line)}
.fp-table thead th{color:var(--fp-faint);font-weight:400;font-size:.95rem;
 border-bottom:1px solid var(--fp-ink)}
.fp-table tbody th{font-weight:400}
.fp-table td:only-of-type{white-space:nowrap}
.fp-table tr.fp-changed td:nth-last-child(-n+2){font-weight:600}
ul.fp-notes{list-style:none;margin:.3rem 0;padding:0}
ul.fp-notes li{border-left:5px solid var(--fp-spruce);padding:.15rem 0 .2rem .8rem;margin:.5rem 0;
 max-width:52em}
ul.fp-notes li.fp-warn{border-left-color:var(--fp-dusk);border-left-style:double}
ul.fp-notes li.fp-danger{border-left-color:var(--fp-ember);border-left-style:dashed}
.fp-notes small{color:var(--fp-faint);display:block}
ul.fp-list{margin:.2rem 0;padding:0 0 0 1.1rem;color:var(--fp-faint);font-size:.95rem;max-width:60em}
ul.fp-list li{margin:.25rem 0;padding:0;font-size:.95rem}
.fp-drawings{display:flex;flex-wrap:wrap;gap:1.5rem;align-items:flex-end}
.fp-drawing{max-width:100%;height:auto}
.fp-done{border-left:5px solid var(--fp-spruce);background:var(--fp-panel);padding:.5rem .8rem;margin:.2rem 0;
 max-width:52em;overflow-wrap:anywhere}
[data-baseweb="tag"] span,[data-baseweb="tag"] svg{color:var(--fp-ground)}
body:has(.st-key-stop-plan) [data-stale="true"]{opacity:1!important}
[data-testid^="stBaseButton-primary"],[data-testid^="stBaseButton-primary"] p{color:var(--fp-ground)}
.fp-fault{border-left:5px dashed var(--fp-ember);padding:.1rem 0 .1rem .7rem;margin:.1rem 0;max-width:52em;
 font-weight:600;overflow-wrap:anywhere}
[data-testid="stForm"] .fp-small,[data-testid="stForm"] .fp-fault{margin-top:-.55rem}
.fp-small{color:var(--fp-faint);font-size:.95rem;max-width:56em;margin:.2rem 0}
.fp-foot{color:var(--fp-faint);font-size:.9rem;border-top:1px solid var(--fp-line);padding-top:.7rem;
 margin-top:2rem}
@media (max-width:40rem){
 .st-key-masthead{gap:.1rem .9rem}
 .st-key-masthead [data-testid="stPageLink"] a{padding:.15rem .35rem}
 .stMainBlockContainer{padding-left:1rem;padding-right:1rem}
 dl.fp-facts{grid-template-columns:1fr 1fr;gap:0 1rem}
 .fp-facts dd{font-size:1.12rem}
 .fp-table-box:has(.fp-stack){overflow:visible}
 .fp-stack thead{position:absolute;left:-999rem}
 .fp-stack tr{display:block;padding:.5rem 0;border-bottom:1px solid var(--fp-line)}
 .fp-stack th,.fp-stack td{display:flex;justify-content:space-between;gap:1rem;border:0;padding:.1rem 0}
 .fp-stack tbody th{font-weight:600}
 .fp-stack td::before{content:attr(data-head);color:var(--fp-faint)}
 .fp-stack td:empty{display:none}
}
"""
