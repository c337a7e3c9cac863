from .calendars import order_calendar as order_calendar
from .pdf import report_pages as report_pages
from .pdf import report_pdf as report_pdf
from .run_files import runs_calendar as runs_calendar
from .run_files import runs_csv as runs_csv
from .run_files import runs_geojson as runs_geojson
from .run_sheets import run_sheets_pages as run_sheets_pages
from .run_sheets import run_sheets_pdf as run_sheets_pdf
