"""Thin files, one a page: Streamlit takes a page as a file."""
