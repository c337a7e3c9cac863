"""The demo scenario: an invented valley, its invented weather and the folders in `demo_sites/`.

Everything here is made up by seeded generators; no real place, person or business is meant.
"""
