"""Named colours in use, the shop's libraries and output they are held against, and the ink that lies on the sheet."""
