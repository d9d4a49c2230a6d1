"""Speed and memory: ratios within one run; seconds are printed as seen and never tested."""
