(() => {
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const rgb = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data];
  };
  // Relative luminance and contrast by WCAG 2.2.
  const luminance = (c) => c.slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const contrast = (a, b) => {
    const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const colour = rgb(getComputedStyle(at).backgroundColor);
      if (colour[3] === 255) return colour;
    }
    return rgb("white");
  };
  const faint = [];
  for (const one of document.querySelectorAll("body *")) {
    const own = [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!own || one.closest("svg, .sr, option, datalist") || one.getClientRects().length === 0) continue;
    const style = getComputedStyle(one);
    const size = parseFloat(style.fontSize);
    const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
    const found = contrast(rgb(style.color), ground(one));
    if (found < (large ? 3 : 4.5)) faint.push(found.toFixed(2) + ": " + one.outerHTML.slice(0, 100));
  }
  for (const text of document.querySelectorAll(".chart .lot text")) {
    const bar = text.parentElement.querySelector(".run");
    const found = contrast(rgb(getComputedStyle(text).fill), rgb(getComputedStyle(bar).fill));
    if (found < 4.5) faint.push(found.toFixed(2) + " on a bar: " + text.textContent);
  }
  return faint.slice(0, 5);
})()
