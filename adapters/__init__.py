"""Datagrams in, fields of a State out. One file a format."""
