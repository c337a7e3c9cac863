"""Rows of somebody else's sheet, brought into a round."""
