"""The reference pages of a folder, made from the models: `python -m tests.reference_pages.site DOCS`."""
