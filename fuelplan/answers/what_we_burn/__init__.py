"""What does the house burn, and is that what the textbook says?"""
