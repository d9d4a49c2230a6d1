"""Speed and memory: ratios within one run; seconds are printed as seen and never tested."""

import springwalk as springwalk  # before numpy: it says how many threads there are
