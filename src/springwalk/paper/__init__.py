"""Paper: typst templates, one call each."""
