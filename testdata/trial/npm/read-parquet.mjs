// Prints a Parquet file as one JSON object: names of the columns, the file's
// own metadata, and the rows. 64-bit integers are printed as numbers.
import { asyncBufferFromFile, parquetMetadataAsync, parquetReadObjects } from 'hyparquet'

const file = await asyncBufferFromFile(process.argv[2])
const metadata = await parquetMetadataAsync(file)
const rows = await parquetReadObjects({ file, metadata })
const out = {
  columns: metadata.schema.slice(1).map((s) => s.name),
  metadata: Object.fromEntries((metadata.key_value_metadata ?? []).map((kv) => [kv.key, kv.value])),
  rows,
}
process.stdout.write(JSON.stringify(out, (_, v) => (typeof v === 'bigint' ? Number(v) : v)))
