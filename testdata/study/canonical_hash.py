"""Recompute the SHA-256 of study files without Cloche.

    python3 canonical_hash.py STUDY.yaml...

Follows the description of the canonical form in internal/study/doc.go with
PyYAML and Python's json and hashlib alone. For numbers, Python and RFC 8785
differ only below 1e-4 and from 1e16 on, which no study here uses.
"""

import hashlib
import json
import sys

import yaml

ALLERGENS = ("gluten crustaceans eggs fish peanuts soya milk nuts celery "
             "mustard sesame sulphites lupin molluscs").split()
HEDONIC = ["dislike extremely", "dislike very much", "dislike moderately",
           "dislike slightly", "neither like nor dislike", "like slightly",
           "like moderately", "like very much", "like extremely"]


def number(v):
    return int(v) if float(v).is_integer() else float(v)


def text(block, key):
    return (block.get(key) or "").strip()


def seconds(pause):
    value, unit = pause.replace("min", " min").replace("s", " s").split()
    return int(value) * (60 if unit == "min" else 1)


HEDONIC_IN = {
    "en": HEDONIC,
    "fr": ["extrêmement désagréable", "très désagréable", "modérément désagréable",
           "légèrement désagréable", "ni agréable ni désagréable", "légèrement agréable",
           "modérément agréable", "très agréable", "extrêmement agréable"],
    "de": ["missfällt mir äußerst", "missfällt mir sehr", "missfällt mir mäßig",
           "missfällt mir ein wenig", "weder das eine noch das andere", "gefällt mir ein wenig",
           "gefällt mir mäßig", "gefällt mir sehr", "gefällt mir äußerst"],
}


def scale(s):
    low, high, labels, start, end = "", "", [], 1, 0
    if s is None:
        return None
    if s == "hedonic-9":
        kind, labels, end = s, HEDONIC, 9
    elif "categories" in s:
        kind, labels, end = "categories", s["categories"], len(s["categories"])
    elif "about right" in s:
        kind, labels, end = "about-right", s["about right"], len(s["about right"])
    else:
        kind, (low, high) = "line", s["line"]
        start, end = number(s.get("from", 0)), number(s.get("to", 100))
    return {"kind": kind, "low": low, "high": high, "from": start, "to": end,
            "labels": labels}


def dish(d):
    return {"id": d["id"], "title": text(d, "title"), "portion": text(d, "portion"),
            "serve_at": number(d["serve at"].split("°")[0]),
            "allergens": [a for a in ALLERGENS if a in d["allergens"]],
            "also_contains": d.get("also contains", []),
            "alcohol": d.get("alcohol", False)}


def serving(v, question):
    return {"design": v.get("design", "all"), "per_assessor": v.get("per assessor", 0),
            "replicates": v.get("replicates", 1), "warm_up": v.get("warm-up"),
            "fixed_reference": v.get("fixed reference"),
            "reference": v.get("reference", "balanced" if question == "duo-trio" else None),
            "blind_first": v.get("blind first", False),
            "keep_dishes_apart": v.get("keep dishes apart", False),
            "expectation": v.get("expectation", False),
            "expectation_of_half": v.get("expectation of half", False),
            "show_numbers": v.get("show numbers", False),
            "taste_once": v.get("taste once", False), "tray_opens": v.get("tray opens", "all codes"),
            "attributes": v.get("attributes", "fixed"),
            "most_per_sitting": v.get("most per sitting", 0),
            "codes": v.get("codes", "serving"), "spare_codes": v.get("spare codes", 10),
            "rinse_seconds": seconds(v.get("rinse", "30 s")),
            "plate_gate": v.get("plate gate", question == "names"),
            "pass_minutes": v.get("minutes at the pass", 3),
            "at_one_table": v.get("at one table", "different orders"),
            "grace_minutes": v.get("minutes of grace", 5),
            **({"time_zone": v["time zone"]} if "time zone" in v else {}),
            "seed": str(v["seed"]) if "seed" in v else None,
            "strata": [{"id": x["id"], "ask": text(x, "ask"), "levels": x["levels"]}
                       for x in v.get("strata", [])],
            "minimise": v.get("minimise", False),
            "blocks": v.get("blocks", "random" if v.get("design") == "one" else "fixed")}


def analysis(a, question, design, samples):
    rates = question in ("names", "samples")
    compare, test, sides = ["", ""], "", "greater"
    if rates:
        test, sides = ("welch-t" if design == "one" else "paired-t"), "two"
    elif question in ("2-afc", "3-afc", "preference"):
        compare = [s["id"] for s in samples]
        sides = "greater" if question == "3-afc" else "two"
    return {"compare": a.get("compare", compare), "attribute": a.get("attribute", ""),
            "test": a.get("test", test), "sides": a.get("sides", sides),
            "alpha": a.get("alpha", 0.05),
            "smallest_effect": number(a.get("smallest effect", 0)),
            "adjust": a.get("adjust", "holm" if rates else ""),
            "undecided": a.get("undecided", ""), "expected_order": a.get("expected order", []),
            "stop_after": a.get("stop after", 0), "stop_by": str(a.get("stop by", "")),
            **({"liking": a["liking"]} if "liking" in a else {}),
            **({"beta": number(a["beta"])} if "beta" in a else {}),
            **({"stop_early": True} if a.get("stop early") else {})}


STOCK = {
    "senses": {"en": "Do you have a cold, or do you smell or taste less than usual today?",
               "it": "Ha il raffreddore, oppure oggi sente gli odori o i sapori meno del solito?"},
    "kitchen": {"en": "Did you help to plan, cook or plate what is served here?",
                "it": "Ha aiutato a progettare, cucinare o impiattare ciò che si serve qui?"},
}


def reply(v):  # YAML 1.1 reads yes and no as true and false
    return {True: "yes", False: "no"}.get(v, v)


def screen(x, lang):
    return {"id": x["id"], "ask": x.get("ask") or STOCK[x["id"]][lang],
            "leaves_out": reply(x.get("leaves out", "yes"))}


def screen_words(x, words, lang):
    return {"id": x["id"], "ask": words.get(x["id"]) or STOCK[x["id"]][lang]}


def texts(t):
    late = [k for k in ("first compared", "second compared") if k in t]
    return {k.replace(" ", "_"): text(t, k)
            for k in ["welcome", "consent", "instructions", "thanks", "debrief", "comment"] + late}


def translation(lang, t, f):
    notes = dict.fromkeys(n for d in f["dishes"] for n in d.get("also contains", []))
    return {"language": lang, "texts": texts(t["texts"]),
            "names": [{"id": n["id"], "text": t["names"][n["id"]]} for n in f.get("names", [])],
            "screening": [screen_words(x, t.get("screening", {}), lang)
                          for x in f["panel"].get("screening", [])],
            "strata": [{"id": x["id"], **t["strata"][x["id"]]}
                       for x in f.get("serving", {}).get("strata", []) if "ask" in x],
            "also_contains": [{"note": n, "text": t["also contains"][n]} for n in notes],
            "attributes": [words(a, t["attributes"][a["id"]], lang) for a in f.get("attributes", [])]}


def words(a, w, lang):
    low, high = w.get("line", ("", ""))
    labels = w.get("categories", w.get("about right", []))
    if a.get("scale") == "hedonic-9":
        labels = HEDONIC_IN[lang.split("-")[0]]
    return {"id": a["id"], "ask": w["ask"], "low": low, "high": high, "labels": labels}


def canonical(f):
    v = f.get("serving", {})
    return {
        "cloche": 1, "title": text(f, "title"), "question": f["question"],
        "hypothesis": text(f, "hypothesis"), "invented": f.get("invented", False),
        "dishes": [dish(d) for d in f["dishes"]],
        "names": [{"id": n["id"], "text": text(n, "text")} for n in f.get("names", [])],
        "samples": [{"id": s["id"], "dish": s["dish"], "name": s.get("name")} for s in f["samples"]],
        "attributes": [{"id": a["id"], "ask": text(a, "ask"), "scale": scale(a.get("scale"))}
                       for a in f.get("attributes", [])],
        "panel": {"assessors": f["panel"]["assessors"], "sittings": f["panel"].get("sittings", 1),
                  "seats": f["panel"].get("seats", 0),
                  "screening": [screen(x, f.get("languages", ["en"])[0])
                                for x in f["panel"].get("screening", [])],
                  "minimum_age": f["panel"].get("minimum age", 0),
                  "withdrawal_days": f["panel"].get("withdrawal days", 7),
                  **({"last_question": f["panel"]["last question"]} if "last question" in f["panel"] else {})},
        "serving": serving(v, f["question"]),
        "texts": texts(f["texts"]), "languages": f.get("languages", ["en"]),
        "translations": [translation(lang, f["translations"][lang], f)
                         for lang in f.get("languages", ["en"])[1:]],
        "analysis": analysis(f.get("analysis", {}), f["question"], v.get("design", "all"), f["samples"]),
    }


for name in sys.argv[1:]:
    with open(name, encoding="utf-8") as file:
        study = canonical(yaml.safe_load(file))
    form = json.dumps(study, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    print(hashlib.sha256(form.encode()).hexdigest(), name)
