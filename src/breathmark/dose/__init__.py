"""Totals per muscle and side, the guidance they are compared with, fitting to a length."""
