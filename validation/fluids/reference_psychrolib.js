// Humid air by the npm package psychrolib, as JSON. It follows ASHRAE Fundamentals, ch. 1.
let psychrolib;
try {
  psychrolib = require("../node_modules/psychrolib");
} catch (error) {
  console.log("The npm package psychrolib is missing: run ./run.sh");
  process.exit(1);
}
const version = require("../node_modules/psychrolib/package.json").version;
psychrolib.SetUnitSystem(psychrolib.SI);

const states = [];
for (const celsius of [-10, 5, 20, 35, 45]) {
  for (const humidity of [0.2, 0.6, 1.0]) {
    const altitude = 100 * (celsius + 10);
    const pressure = psychrolib.GetStandardAtmPressure(altitude);
    const ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pressure);
    states.push({
      celsius, humidity, altitude, pressure, ratio,
      saturation: psychrolib.GetSatVapPres(celsius),
      density: psychrolib.GetMoistAirDensity(celsius, ratio, pressure),
    });
  }
}
const start = process.hrtime.bigint();
let sum = 0;
for (let i = 0; i < 100000; ++i) sum += psychrolib.GetMoistAirDensity(20 + 1e-4 * i, 0.01, 95000);
const seconds = Number(process.hrtime.bigint() - start) * 1e-9 / 100000;
console.log(JSON.stringify({version, states, sum, seconds_per_density: seconds}));
