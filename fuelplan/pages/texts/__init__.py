"""Every text of the pages: another language is another set of these modules."""
