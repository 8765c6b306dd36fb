"""Tests in Debian's chromium."""
