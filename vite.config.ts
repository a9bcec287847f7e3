import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

/** The web pages. `npm start` serves what this builds; `npx vite` beside a running `npm start` serves them while they are edited. */
export default defineConfig({
  root: here('web'),
  plugins: [react()],
  worker: { format: 'es' },
  build: {
    outDir: here('dist/web'),
    emptyOutDir: true,
    target: 'es2022',
    reportCompressedSize: false,
    chunkSizeWarningLimit: 400,
  },
  server: {
    host: '127.0.0.1',
    proxy: { '/api': { target: 'http://127.0.0.1:4680', changeOrigin: true } },
  },
});
