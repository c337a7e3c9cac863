"""The printable pages: the answer on size, and run sheets with delivery notes, as PDFs to hand on."""

from fuelplan.papers.pdf import report_pages, report_pdf
from fuelplan.papers.run_sheets import run_sheets_pages, run_sheets_pdf

__all__ = ["report_pages", "report_pdf", "run_sheets_pages", "run_sheets_pdf"]
