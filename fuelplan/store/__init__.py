"""Where fuel and heat lie: bulk stores, hopper, buffer, log pile, log heating, access."""
