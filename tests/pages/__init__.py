"""Tests of the customer's pages, without a browser."""
