"""Every file that leaves the site: records on paper, tables, and sets for other systems."""

from coursework.exports.cells import cell, spreadsheet
from coursework.exports.paper import INSTALL_LINE, NoPdf, PageSize, write_pdf
from coursework.exports.record_pdf import issue_print, paper_of, pdf
from coursework.exports.record_table import file_name, record_csv

__all__ = [
    "INSTALL_LINE",
    "NoPdf",
    "PageSize",
    "cell",
    "file_name",
    "issue_print",
    "paper_of",
    "pdf",
    "record_csv",
    "spreadsheet",
    "write_pdf",
]
