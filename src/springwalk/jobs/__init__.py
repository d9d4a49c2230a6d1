"""One verb a file. Questions return a frozen result and write nothing; entries write and return a receipt."""
