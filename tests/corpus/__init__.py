"""Damaged and hostile returns, made from a released lesson."""
