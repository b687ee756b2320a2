"""Notes for whoever builds the sensor, the small calculations behind them, and a reference firmware."""
