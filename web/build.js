// Builds static/built/figures.js: ECharts cut down to the charts, parts and
// renderer that the figures use, as one script that sets window.echarts.
import { build } from "esbuild";
import { statSync, readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { fileURLToPath } from "node:url";

const at = (path) => fileURLToPath(new URL(path, import.meta.url));

const entry = `
import { init, use } from "echarts/core";
import { LineChart } from "echarts/charts";
import { GridComponent } from "echarts/components";
import { SVGRenderer } from "echarts/renderers";
use([LineChart, GridComponent, SVGRenderer]);
export { init };
`;

await build({
  stdin: { contents: entry, resolveDir: at("."), sourcefile: "figures.js" },
  outfile: at("static/built/figures.js"),
  bundle: true,
  minify: true,
  format: "iife",
  globalName: "echarts",
  target: "es2019",
  charset: "utf8",
  legalComments: "eof",
  banner: { js: "/* Apache ECharts, Apache-2.0; zrender, BSD-3-Clause; tslib, 0BSD */" },
});

const out = at("static/built/figures.js");
const bytes = statSync(out).size;
const zipped = gzipSync(readFileSync(out)).length;
console.log(`static/built/figures.js: ${(bytes / 1000).toFixed(0)} kB, ${(zipped / 1000).toFixed(0)} kB gzipped`);
