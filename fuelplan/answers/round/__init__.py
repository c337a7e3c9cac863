"""What a round's books say of orders, deliveries and roads; bringing a sheet in."""
