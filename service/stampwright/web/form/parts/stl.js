// Reads a binary STL: triangles as they are, with their box.

const HEAD = 80;
const FACET = 50; // twelve floats and two bytes

/** Vertices (nine numbers a triangle) and the lowest and highest corner. Throws where the file is cut short. */
export function readStl(buffer) {
  const view = new DataView(buffer);
  const count = view.getUint32(HEAD, true);
  if (buffer.byteLength < HEAD + 4 + count * FACET) throw new Error("the solid came incomplete");
  const vertices = new Float32Array(9 * count);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let facet = 0; facet < count; facet += 1) {
    const at = HEAD + 4 + facet * FACET + 12; // after the normal, which the shader finds by itself
    for (let i = 0; i < 9; i += 1) {
      const value = view.getFloat32(at + 4 * i, true);
      vertices[9 * facet + i] = value;
      low[i % 3] = Math.min(low[i % 3], value);
      high[i % 3] = Math.max(high[i % 3], value);
    }
  }
  return { vertices, low, high };
}
