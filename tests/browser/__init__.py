from playwright.sync_api import expect

# A machine that does two things at once is slow now and then; what is there at once is not waited for.
expect.set_options(timeout=30_000)
