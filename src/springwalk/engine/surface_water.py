"""Daily water balance of the soil's surface layer."""
