"""What Windows answers: thin calls that hand back plain numbers, texts and bytes.

No call decides anything. What a structure means is decoded elsewhere, so that bytes in the layout
the Win32 documentation gives can stand in for a PC that is not at hand.
"""
