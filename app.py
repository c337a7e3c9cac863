"""The pages, for `streamlit run app.py`; `fuelplan app` starts the same ones from the installed package."""

from fuelplan.ui import run

if __name__ == "__main__":  # not in a helper process, which reads this file, too
    run()
