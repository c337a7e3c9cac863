"""The script that Streamlit runs when the pages are started from the installed package."""

from fuelplan.ui import run

if __name__ == "__main__":  # not in a helper process, which reads this file, too
    run()
