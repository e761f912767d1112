// Solves a network file with the reference library and prints the flow (l/s) of each pipe in
// order, then the microseconds of one warm-started solve.
import { createRequire } from 'node:module';
import fs from 'node:fs';

const require = createRequire(new URL('../package.json', import.meta.url));
const { Project, Workspace, LinkProperty, CountType } = require('epanet-js');

const workspace = new Workspace();
if (workspace.loadModule) await workspace.loadModule();
const model = new Project(workspace);
workspace.writeFile('net.inp', fs.readFileSync(process.argv[2]));
model.open('net.inp', 'report.rpt', 'out.bin');
model.openH();
model.initH(10);
model.runH();
const count = model.getCount(CountType.LinkCount);
for (let link = 1; link <= count; ++link) console.log(model.getLinkValue(link, LinkProperty.Flow));
const runs = 50;
const start = process.hrtime.bigint();
for (let run = 0; run < runs; ++run) {
    model.initH(0);
    model.runH();
}
console.log(Number(process.hrtime.bigint() - start) / 1000 / runs);
model.closeH();
model.close();
