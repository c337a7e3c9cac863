"""How big a store, hopper and buffer?"""
