"""Tests of the evaluation."""
