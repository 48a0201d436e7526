// Answers each line "scan FILE" or "keep FILE TARGET" on the standard input with
// the milliseconds it took and what was found. Two threads.
const { DuckDBInstance } = require('@duckdb/node-api');
const fs = require('fs');
const readline = require('readline');

(async () => {
  const lines = readline.createInterface({ input: process.stdin });
  const memory = await (await DuckDBInstance.create(':memory:', { threads: '2' })).connect();
  const version = (await memory.runAndReadAll('select version()')).getRows()[0][0];
  console.log('ready ' + version);
  const table = (file) => `read_csv('${file}', header=true, columns={'time':'DOUBLE','rail':'DOUBLE','temp':'DOUBLE'})`;
  for await (const line of lines) {
    const [what, file, target] = line.split(' ');
    const begin = process.hrtime.bigint();
    let found;
    if (what === 'scan') {
      const r = await memory.runAndReadAll(`select count(*), sum(rail), min(temp), max(temp) from ${table(file)}`);
      found = r.getRows()[0].join(' ');
    } else if (what === 'memory') {
      await memory.run(`create or replace table kept as select * from ${table(file)}`);
      found = (await memory.runAndReadAll('select count(*) from kept')).getRows()[0].join(' ');
    } else {
      for (const f of [target, target + '.wal']) fs.rmSync(f, { force: true });
      const db = await DuckDBInstance.create(target, { threads: '2' });
      const c = await db.connect();
      await c.run(`create table kept as select * from ${table(file)}`);
      await c.run('checkpoint');
      found = (await c.runAndReadAll('select count(*) from kept')).getRows()[0].join(' ');
      c.closeSync();
      db.closeSync();
    }
    const took = Number(process.hrtime.bigint() - begin) / 1e6;
    console.log(`${took} ${process.resourceUsage().maxRSS} ${found}`);
    if (what === 'memory') await memory.run('drop table kept');
  }
})();
