"""Backups in one file that any database can be filled from; used by commands only."""
