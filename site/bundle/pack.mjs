// node pack.mjs QUALITY FILE…: writes FILE.gz and FILE.br beside each file. What is there already and holds the same bytes stays.
import { readFile, stat, writeFile } from 'node:fs/promises';
import { promisify } from 'node:util';
import { brotliCompress, constants, gunzip, gzip } from 'node:zlib';

const [quality, ...files] = process.argv.slice(2);
const P = constants;

/** @param {string} name @param {Buffer} data @returns {Promise<boolean>} */
async function fresh(name, data) {
  try {
    const [zipped] = await Promise.all([readFile(`${name}.gz`), stat(`${name}.br`)]);
    return data.equals(await promisify(gunzip)(zipped));
  } catch {
    return false;
  }
}

await Promise.all(
  files.map(async (name) => {
    const data = await readFile(name);
    if (Number(quality) < 11 && (await fresh(name, data))) return;
    const params = { [P.BROTLI_PARAM_QUALITY]: Number(quality), [P.BROTLI_PARAM_LGWIN]: 24, [P.BROTLI_PARAM_SIZE_HINT]: data.length };
    await writeFile(`${name}.br`, await promisify(brotliCompress)(data, { params }));
    await writeFile(`${name}.gz`, await promisify(gzip)(data, { level: 9 })); // last: it tells that both are there
  }),
);
