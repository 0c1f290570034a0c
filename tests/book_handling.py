"""What hands do to the book that is open in a browser."""

STILL = """each => {
  const { x, y, width } = each.getBoundingClientRect(), before = each.here;
  const here = each.here = [x, y, width].join();
  return here === before;
}"""
ZOOMED = "each => ['3.0', '2.9'].includes((each.dataset.zoom || '').slice(0, 3))"


def pinched(page, sheet):
    """Two fingers put down in the middle of a drawing and drawn apart; the drawing's box.

    A browser that is busy gives a touch up after a while, and tells the page that it was none; then
    the drawing is as it was, and the fingers are put down again.
    """
    from playwright.sync_api import TimeoutError as TooLate

    sheet.scroll_into_view_if_needed()
    page.wait_for_function(STILL, arg=sheet.element_handle())  # in two frames in a row
    box = sheet.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    session = page.context.new_cdp_session(page)

    def touch(kind, apart):
        points = [{"x": x - apart, "y": y, "id": 0}, {"x": x + apart, "y": y, "id": 1}]
        points = [] if kind == "touchEnd" else points
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    for again in (True, True, False):
        touch("touchStart", 20)
        for apart in (30, 45, 60):
            touch("touchMove", apart)
        touch("touchEnd", 0)
        try:
            page.wait_for_function(ZOOMED, arg=sheet.element_handle())
        except TooLate:
            if not again or sheet.get_attribute("data-zoom") not in {None, "1.00"}:
                raise
        else:
            break
    return box
