"""Pure: temperature, humidity, dew point and wood moisture over time."""
