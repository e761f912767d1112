// The comparison page has no violation that axe-core finds, at the widths of a phone and a desk, and
// nothing on it is wider than a phone: no column hides. Printed it takes at most four sheets.
// Usage: node axe_page.mjs page.html folder-of-node_modules. Exit 77: axe-core or Chromium missing.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const [page, modules] = process.argv.slice(2);
const axe = join(modules, 'axe-core', 'axe.min.js');
if (!existsSync(axe)) {
  console.log('axe-core is not installed: npm install in validation/');
  process.exit(77);
}
const folder = mkdtempSync(join(tmpdir(), 'axe-'));
let failed = false;
for (const width of [390, 1280]) {
  const report = `axe.run().then(r => { const p = document.createElement('pre'); p.id = 'axe-report';
    p.textContent = JSON.stringify({ passes: r.passes.length,
    screen: document.documentElement.clientWidth,
    wide: [...document.querySelectorAll('table, svg, p, li')].map(e => e.getBoundingClientRect())
      .filter(b => b.right > document.documentElement.clientWidth + 1).length, violations: r.violations.map(v =>
      ({ id: v.id, help: v.help, nodes: v.nodes.map(n => n.html.slice(0, 160)) })) });
    document.body.appendChild(p); });`;
  const file = join(folder, `${width}.html`);
  writeFileSync(file, readFileSync(page, 'utf8').replace('</body>', () =>
    `<script>${readFileSync(axe, 'utf8').replaceAll('</script', '<\\/script')}</script><script>${report}</script></body>`));
  const run = spawnSync('chromium', ['--headless', '--no-sandbox', '--disable-gpu', `--window-size=${width},900`,
    '--virtual-time-budget=60000', '--dump-dom', `file://${file}`], { encoding: 'utf8', maxBuffer: 1 << 26 });
  if (run.error) {
    console.log('chromium could not be started');
    process.exit(77);
  }
  const found = /<pre id="axe-report">(.*?)<\/pre>/s.exec(run.stdout);
  if (!found) {
    console.error(`width ${width}: no report came back`);
    failed = true;
    continue;
  }
  const text = found[1].replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&amp;', '&');
  const { passes, violations, screen, wide } = JSON.parse(text);
  console.log(`width ${width}: ${passes} rules pass, ${violations.length} violations, ${wide} parts beyond ${screen}`);
  failed ||= wide > 0;
  for (const v of violations) console.error(`${v.id}: ${v.help}\n  ${v.nodes.slice(0, 5).join('\n  ')}`);
  failed ||= violations.length > 0 || passes < 10;
}
const pdf = join(folder, 'page.pdf');
spawnSync('chromium', ['--headless', '--no-sandbox', '--disable-gpu', `--print-to-pdf=${pdf}`, `file://${page}`]);
const sheets = existsSync(pdf) ? (readFileSync(pdf, 'latin1').match(/\/Type \/Page\b(?!s)/g) ?? []).length : 0;
console.log(`printed: ${sheets} sheets`);
failed ||= sheets < 1 || sheets > 4;
rmSync(folder, { recursive: true });
process.exit(failed ? 1 : 0);
