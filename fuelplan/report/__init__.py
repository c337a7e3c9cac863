"""The printable page: the answer on size as a PDF that an installer can hand on."""

from fuelplan.report.pdf import report_pages, report_pdf

__all__ = ["report_pages", "report_pdf"]
