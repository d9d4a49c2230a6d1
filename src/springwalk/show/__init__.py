"""Numbers, words and figures of a result: made once here for page, paper and terminal."""
