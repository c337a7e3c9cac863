"""The pages, for `streamlit run app.py`; `fuelplan app` starts the same ones from the installed package."""

from fuelplan.ui import run

run()
