/** What several commands' helps say alike. */

export const EXITS = `Exit codes
  0  the command did its work (findings in a log are not an error)
  2  something given cannot be used; one sentence on standard error says what, where and what to do
  1  a fault of Boostwright's own; please report it
  130  stopped by Ctrl+C; nothing was changed`;

export const AIR = `  --temperature VALUE   outside air, like 30degC, 86degF or 303K (standard air when left out: 15degC)
  --pressure VALUE      outside air, like 98kPa, 980mbar or 14.2psi (standard air: 1013.25 mbar)
  --humidity VALUE      relative humidity, like 60% (standard air: 0%)`;

export const SHOWN = `  --units metric|us     units of the printed tables (metric when left out); --json is always SI
  --json                print one JSON object instead of tables, SI units, unit in each key`;
