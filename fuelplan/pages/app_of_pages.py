"""What `fuelplan app` serves: the pages, behind the look at each request."""

import streamlit as st
from starlette.middleware import Middleware

from fuelplan.pages.own_address import OwnAddress
from fuelplan.pages.serve import PAGE

app = st.App(PAGE, middleware=[Middleware(OwnAddress)])
