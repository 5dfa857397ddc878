"""Where models of pricing, supply, weather, rates and demand are registered and found."""
