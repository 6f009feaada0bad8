// node on_wasm.mjs MODULE SETTINGS RECORDING [EVERY FIRST LAST]: the trace on standard output, the run's exit status.
import { readFileSync, writeSync } from "node:fs";

const [modulePath, settingsPath, recordingPath, every = "100", first = "1", last = "0"] = process.argv.slice(2);
const settings = readFileSync(settingsPath);
const recording = readFileSync(recordingPath);
let memory;
let read = 0;
const parts = [];

function give(from, begin, place, size) {
  const part = from.subarray(begin, begin + size);
  new Uint8Array(memory.buffer, place, part.length).set(part);
  return part.length;
}

const { instance } = await WebAssembly.instantiate(readFileSync(modulePath), {
  bench: {
    read_recording(place, size) {
      const count = give(recording, read, place, size);
      read += count;
      return count;
    },
    read_settings: (place, size) => give(settings, 0, place, size),
    write_trace: (text, size) => parts.push(Buffer.from(new Uint8Array(memory.buffer, text, size))),
  },
});
memory = instance.exports.memory;
instance.exports._initialize?.();
const status = instance.exports.run(Number(every), Number(first), Number(last));
const trace = Buffer.concat(parts);
for (let at = 0; at < trace.length; ) at += writeSync(1, trace, at);
process.exitCode = status;
