"""The pages, for `streamlit run app.py`; `fuelplan app` starts the same ones from the installed package."""

import streamlit as st
from starlette.middleware import Middleware

from fuelplan.pages.own_address import OwnAddress
from fuelplan.pages.serve import PAGE

app = st.App(PAGE, middleware=[Middleware(OwnAddress)])
