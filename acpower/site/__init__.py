"""The course as a site: lessons and worksheets that run in a browser, with nothing installed beside it."""
