"""What `fuelplan app` serves: the pages, behind the look at each request."""

import streamlit as st
from starlette.middleware import Middleware

from fuelplan.ui.own_address import OwnAddress
from fuelplan.ui.serve import PAGE

app = st.App(PAGE, middleware=[Middleware(OwnAddress)])
