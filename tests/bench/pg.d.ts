/** The part of `pg` that the bench asks for; the package bears no types. */
declare module 'pg' {
  class Client {
    constructor(to: { readonly host: string; readonly database: string; readonly user: string });
    connect(): Promise<void>;
    query(text: string): Promise<unknown>;
    end(): Promise<void>;
  }
  const pg: { readonly Client: typeof Client };
  export default pg;
}
