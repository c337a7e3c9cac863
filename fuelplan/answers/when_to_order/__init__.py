"""When do I order, and how much?"""
