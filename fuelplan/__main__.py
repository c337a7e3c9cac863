"""`python -m fuelplan` does the same as `fuelplan`."""

from fuelplan.cli.main import main

if __name__ == "__main__":
    main()
