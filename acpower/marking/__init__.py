"""Hand out, take in, mark and hand back: everything around a class of worksheets."""
