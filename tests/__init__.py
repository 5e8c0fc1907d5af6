"""Tests of pcaudit."""
