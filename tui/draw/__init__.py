"""Drawings: maps, trees and pages, as text and as pictures. Loads no screen library."""
