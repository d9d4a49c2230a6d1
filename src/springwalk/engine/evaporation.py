"""Reference evapotranspiration by FAO-56 from a station's few readings."""
