"""Which customers, which day, which tanker?"""
