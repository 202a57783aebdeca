// Types of the published document, for the check alone (tests/clients/typescript/types makes them).
import type { components, paths } from "../../../tests/clients/typescript/generated/denwright.ts";

export type Schema = components["schemas"];
export type Alarm = Schema["Alarm"];
export type Level = Schema["Level"];
type Json<T> = T extends { content: { "application/json": infer Body } } ? Body : never;
/** Paths that can be read. */
export type Readable = {
  [P in keyof paths]: paths[P] extends { get: { responses: { 200: { content: { "application/json": unknown } } } } }
    ? P : never;
}[keyof paths];
/** What a path answers. */
export type Read<P extends Readable> =
  paths[P] extends { get: { responses: { 200: infer Answer } } } ? Json<Answer> : never;
/** Paths that answer a question with a body. */
export type Asked = {
  [P in keyof paths]: paths[P] extends { post: { requestBody: unknown; responses: { 200: { content: { "application/json": unknown } } } } }
    ? P : never;
}[keyof paths];
export type Question<P extends Asked> = paths[P] extends { post: { requestBody: infer Body } } ? Json<Body> : never;
export type Told<P extends Asked> =
  paths[P] extends { post: { responses: { 200: infer Answer } } } ? Json<Answer> : never;
export type BatchAnswer = Json<paths["/v1/kennels/{kennel_id}/observations/batch"]["post"]["responses"][200]>;
export type Person = { id: string; name: string; email: string };
export type MyKennel = { kennel_id: string; name: string; role: Schema["Role"] };
/** Who is signed in on this phone. */
export type Who = { person: Person; kennels: MyKennel[] };
