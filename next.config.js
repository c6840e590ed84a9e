/**
 * How the page is built. Its headers, the content policy among them, are set for each answer by `workers/web.ts`.
 * @type {import('next').NextConfig}
 */
export default {
  poweredByHeader: false,
  reactStrictMode: true,
  devIndicators: false,
  // Photographs go through route handlers that check them, never through an optimiser that keeps copies.
  images: { unoptimized: true },
  // The top level holds one lock file; without this the builder looks for others in the folders above.
  turbopack: { root: import.meta.dirname },
  outputFileTracingRoot: import.meta.dirname,
  // `npm test` runs the type check on everything at once.
  typescript: { ignoreBuildErrors: true },
};
