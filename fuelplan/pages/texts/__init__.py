"""Every text of the pages, as messages: constants, and functions where values stand in a text."""
