"""The classroom side of weldlog: every table, page, form and export."""
