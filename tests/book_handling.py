"""What hands do to the book that is open in a browser."""


def pinched(page, sheet):
    """Two fingers put down in the middle of a drawing and drawn apart; the drawing's box."""
    sheet.scroll_into_view_if_needed()
    box = sheet.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    session = page.context.new_cdp_session(page)

    def touch(kind, apart):
        points = [{"x": x - apart, "y": y, "id": 0}, {"x": x + apart, "y": y, "id": 1}]
        points = [] if kind == "touchEnd" else points
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 20)
    for apart in (30, 45, 60):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    page.wait_for_selector("#face-box-left .sheet[data-zoom^='3.0'], .sheet[data-zoom^='2.9']")
    return box
