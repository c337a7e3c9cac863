"""The script that Streamlit runs when the pages are started from the installed package."""

from fuelplan.ui import run

run()
