"""Soil temperature at seed depth from air temperature."""
