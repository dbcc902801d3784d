# One image for the API and the worker; docker-compose.yml says which of the two a container runs.
FROM node:20-slim AS build
WORKDIR /app
COPY . .
RUN npm ci && npx tsc -b && npm prune --omit=dev

FROM node:20-slim
ENV NODE_ENV=production FELLMARK_DATA_DIR=/data FELLMARK_TERRAIN_DIR=/terrain
RUN mkdir /data /terrain && chown node:node /data
WORKDIR /app
COPY --from=build /app /app
USER node
CMD ["node", "services/api/dist/main.js"]
