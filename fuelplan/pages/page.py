"""The script that Streamlit runs for every look at a page."""

from fuelplan.pages import run

if __name__ == "__main__":  # not in a helper process, which reads this file, too
    run()
