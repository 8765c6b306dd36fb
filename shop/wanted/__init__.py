"""Vehicles that customers miss: asked for on the first page, answered, taken up or declined.

A request ends where its vehicle is entered (``shop/vehicles``) and its customer told, or with a friendly no.
"""
