"""Widgets that draw view models."""
