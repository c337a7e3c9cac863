"""What lies ahead of a round's customers, and who is due?"""
