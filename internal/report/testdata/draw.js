// Draws figures as figure.js does, without a browser, and says where each mark came
// to stand. Reads [{option, width, height}] as JSON; writes for each figure
// {lines, series: [{drawn: [[x, y] or null, …], meant: [[x, y], …]}]} in pixels.
const fs = require("fs");
const vm = require("vm");
vm.runInThisContext(fs.readFileSync(process.argv[2], "utf8"));

const round = (p) => p.map((v) => Math.round(v * 100) / 100);

function look(figure) {
  const chart = echarts.init(null, null, { renderer: "svg", ssr: true, width: figure.width, height: figure.height });
  chart.setOption(figure.option);
  const svg = chart.renderToSVGString();
  const series = figure.option.series.map((s) => ({
    drawn: (s.data || []).map(() => null),
    meant: (s.data || []).map((d) => round(chart.convertToPixel({ xAxisIndex: 0, yAxisIndex: 0 }, d.value))),
  }));
  for (const [tag] of svg.matchAll(/<path[^>]*ecmeta_series_index[^>]*>/g)) {
    const number = (name) => Number(tag.match(new RegExp(`${name}="(\\d+)"`))[1]);
    const at = tag.match(/transform="matrix\(([^)]*)\)"/)[1].split(",").map(Number);
    series[number("ecmeta_series_index")].drawn[number("ecmeta_data_index")] = round([at[4], at[5]]);
  }
  chart.dispose();
  return { lines: (svg.match(/<g clip-path/g) || []).length, series };
}

const answer = JSON.parse(fs.readFileSync(0, "utf8")).map(look);
process.stdout.write(JSON.stringify(answer), () => process.exit(0)); // the drawing library keeps a timer
