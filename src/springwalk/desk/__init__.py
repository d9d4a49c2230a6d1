"""The desk: server-rendered pages."""
