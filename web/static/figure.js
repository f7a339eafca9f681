// Draws the figures of a report: each element with data-figure names a script
// element that holds an ECharts option as JSON. The drawing is a still SVG, so
// it prints as it stands; it is drawn anew when its width changes. Until it is
// drawn, or where ECharts is missing, the element keeps its text.
(function () {
  "use strict";

  // ECharts writes fonts into style attributes and adds style elements for
  // hovering. A strict Content-Security-Policy forbids both; SVG has attributes
  // for the first, and a still figure needs no second.
  function withoutStyles(svg) {
    return svg.replace(/<style[\s\S]*?<\/style>/g, "").replace(/ style="([^"]*)"/g, function (_, style) {
      return style.split(";").map(function (rule) {
        var at = rule.indexOf(":");
        var name = rule.slice(0, at).trim();
        return at > 0 && /^(font-|fill|stroke|opacity|letter-)/.test(name)
          ? " " + name + '="' + rule.slice(at + 1).trim() + '"' : "";
      }).join("");
    });
  }

  // What the option cannot say from outside: the page's font, and a line height,
  // which ECharts else takes from the width of a Chinese character.
  function fit(option, place) {
    option.textStyle = { fontFamily: getComputedStyle(place).fontFamily.replace(/"/g, "'") };
    [].concat(option.xAxis, option.yAxis).forEach(function (axis) {
      if (axis.axisLabel) axis.axisLabel.lineHeight = Math.round(1.3 * (axis.axisLabel.fontSize || 12));
    });
    return option;
  }

  // A picture that is folded away has no width yet: it is drawn as wide as the report, since
  // paper shows it folded or not.
  function widthOf(place) {
    return Math.round(place.clientWidth || (place.closest(".report") || document.body).clientWidth);
  }

  // The first picture stands beside the answer on a desk: it gives up to a quarter of its height so that
  // what its caption says is on the first screen too.
  function heightOf(place) {
    var usual = Number(place.dataset.height) || 300;
    var caption = place.closest(".report-pictured") && place.parentNode.querySelector("figcaption > p");
    if (!caption || !window.matchMedia("screen and (min-width: 60rem)").matches) return usual;
    var at = place.getBoundingClientRect();
    var said = caption.getBoundingClientRect().bottom - at.bottom;
    var room = window.innerHeight - 16 - at.top - window.scrollY - said;
    return Math.round(Math.min(usual, Math.max(0.75 * usual, room)));
  }

  function draw(place, option) {
    var width = widthOf(place);
    var height = heightOf(place);
    if (width < 40) return;
    var chart = echarts.init(null, null, { renderer: "svg", ssr: true, width: width, height: height });
    chart.setOption(option);
    var text = withoutStyles(chart.renderToSVGString()).replace(/>-(?=\d)/g, ">\u2212");
    chart.dispose();
    var svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    svg.setAttribute("viewBox", "0 0 " + width + " " + height);
    svg.setAttribute("width", "100%");
    svg.removeAttribute("height");
    svg.setAttribute("aria-hidden", "true");
    place.replaceChildren(document.importNode(svg, true));
    place.dataset.drawn = String(width);
  }

  function hydrate(place) {
    var source = document.getElementById(place.dataset.figure);
    if (!source) return;
    var option = JSON.parse(source.textContent);
    if (!option) return;
    fit(option, place);
    draw(place, option);
    if (!window.ResizeObserver) return;
    var waiting = 0;
    new ResizeObserver(function () {
      clearTimeout(waiting);
      waiting = setTimeout(function () {
        if (String(widthOf(place)) !== place.dataset.drawn) draw(place, option);
      }, 150);
    }).observe(place);
  }

  function start() {
    if (!window.echarts) return;
    document.querySelectorAll("[data-figure]").forEach(hydrate);
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})();
