/* A table that is wider than the page can be moved sideways: it says so, and shades the side on which there is more. */

/** @param box  what scrolls; the line that says so stands above it, and only while there is more */
export function sideways(box) {
  const line = document.createElement("p");
  line.className = "small sideways";
  line.hidden = true;
  box.before(line);
  const see = () => {
    // Whole pixels are lost where a page is enlarged: one is no column.
    const left = box.scrollLeft > 1;
    const right = box.scrollLeft + box.clientWidth < box.scrollWidth - 1;
    box.classList.toggle("more-left", left);
    box.classList.toggle("more-right", right);
    line.hidden = !left && !right;
    line.textContent = right ? "More to the right: move the table sideways →" : "← More to the left";
  };
  box.addEventListener("scroll", see, { passive: true });
  const sizes = new ResizeObserver(see);
  sizes.observe(box);
  sizes.observe(box.firstElementChild);
}
