"""Who may open the shop: passphrase, signed-in browsers, back-off on wrong tries."""
