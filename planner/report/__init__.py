"""Findings made into words, tables and files."""
