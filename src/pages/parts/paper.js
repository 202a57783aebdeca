// What the service prints: fetched with the person's token and handed to the browser as a file.
import { html, useState } from "./html.js";
import { Trouble, fileOf } from "./api.js";
import { t } from "./texts.js";

/** @param {{ path: string, name: string, of?: (path: string) => Promise<Blob>, children: any }} props `name`: of the file; `of`: how it is fetched */
export function Paper({ path, name, of = fileOf, children }) {
  const [told, setTold] = useState("");
  const fetch = async () => {
    setTold(t("state.loading"));
    try {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(await of(path));
      link.download = name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
      setTold("");
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setTold(error.status === 0 ? t("paper.offline") : error.message);
    }
  };
  return html`<span class="paper"><button onClick=${fetch}>${children}</button><span role="status"> ${told}</span></span>`;
}

/** A picture of the service's. @param {{ answer: import("./read.js").Answer<string>, alt: string }} props */
export function Picture({ answer, alt }) {
  const [address, setAddress] = useState("");
  const [drawn, setDrawn] = useState("");
  if (answer.data !== undefined && answer.data !== drawn) {
    if (address) URL.revokeObjectURL(address);
    setDrawn(answer.data);
    setAddress(URL.createObjectURL(new Blob([answer.data], { type: "image/svg+xml" })));
  }
  return address ? html`<img class="picture" src=${address} alt=${alt} />` : null;
}
