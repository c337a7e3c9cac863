"""The pages, for `streamlit run app.py`; `fuelplan app` starts the same ones from the installed package."""

import streamlit as st
from starlette.middleware import Middleware

from fuelplan.ui.own_address import OwnAddress
from fuelplan.ui.serve import PAGE

app = st.App(PAGE, middleware=[Middleware(OwnAddress)])
