"""Lessons for reading and personal worksheets for the pen: pages for rooms without computers."""
