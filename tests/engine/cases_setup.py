"""For each set-up rule: a coupon that makes it fire, and one that keeps it quiet."""

from tests.engine.cases_cleaning import Document, gmaw, gtaw, metal, rod


def balance(en_percent: float) -> Document:
    """Return a GTAW coupon with this share of electrode negative."""
    return gtaw(ac={"en_percent": en_percent})


def tungsten(current_a: float, diameter_mm: float = 2.4) -> Document:
    """Return a GTAW coupon with this current on a tungsten of this size."""
    return gtaw(current_a=current_a, tungsten={"diameter_mm": diameter_mm})


def arc(length_mm: float) -> Document:
    """Return a GTAW coupon with an arc of this length on a tungsten of 2.4 mm."""
    return gtaw(arc_length_mm=length_mm, tungsten={"diameter_mm": 2.4})


def feed(**members: object) -> Document:
    """Return a GMAW coupon with this wire feed path."""
    return gmaw(wire_feed_path=members)


def heated(alloy: str, **members: object) -> Document:
    """Return a GTAW coupon of one alloy."""
    return gtaw(base_metals=[metal(alloy=alloy)], **members)


def sprayed(current_a: float) -> Document:
    """Return a GMAW coupon in spray with this current on wire of 1.2 mm."""
    return gmaw(transfer="spray", current_a=current_a)


def thick(thickness_mm: float) -> Document:
    """Return a GTAW coupon of plate of this thickness."""
    return gtaw(base_metals=[metal(thickness_mm=thickness_mm)], current_a=300)


def pure(current_a: float) -> Document:
    """Return a GTAW coupon with this current on a pure tungsten of 1.6 mm."""
    return gtaw(current_a=current_a, tungsten={"type": "pure", "diameter_mm": 1.6})


def dip(thickness_mm: float) -> Document:
    """Return a GMAW coupon welded with short-circuit transfer."""
    return gmaw(transfer="short_circuit", base_metals=[metal(thickness_mm=thickness_mm)])


CASES: dict[str, tuple[Document, Document]] = {
    "setup-dcen-argon": (gtaw(polarity="DCEN"), gtaw()),
    "setup-dcen-mixed-gas": (
        gtaw(polarity="DCEN", shielding_gas="argon_helium"),
        gtaw(polarity="AC", shielding_gas="argon_helium"),
    ),
    "setup-dcen-helium": (
        gtaw(polarity="DCEN", shielding_gas="helium"),
        gtaw(polarity="AC", shielding_gas="helium"),
    ),
    "setup-dcep-gtaw": (gtaw(polarity="DCEP"), gmaw(polarity="DCEP")),
    "setup-gmaw-polarity": (gmaw(polarity="DCEN"), gmaw()),
    "setup-balance-low": (balance(49), balance(50)),
    "setup-balance-high": (balance(86), balance(85)),
    "setup-tungsten-pure": (
        gtaw(tungsten={"type": "pure"}),
        gtaw(tungsten={"type": "zirconiated"}),
    ),
    "setup-tungsten-touched": (
        gtaw(tungsten={"touched_pool": True}),
        gtaw(tungsten={"touched_pool": False}),
    ),
    "setup-tungsten-small": (tungsten(251), tungsten(250)),
    "setup-tungsten-large": (tungsten(49), tungsten(50)),
    "setup-gas": (gmaw(shielding_gas="argon_co2"), gmaw(shielding_gas="argon_helium")),
    "setup-gas-flow-low": (gtaw(gas_flow_l_min=4.9), gtaw(gas_flow_l_min=5)),
    "setup-gas-flow-high": (gmaw(gas_flow_l_min=28.1), gmaw(gas_flow_l_min=28)),
    "setup-draught": (gtaw(draught=True), gtaw(draught=False)),
    "setup-air-cold": (gtaw(air_c=9), gtaw(air_c=10)),
    "setup-preflow-short": (gtaw(preflow_s=0.1), gtaw(preflow_s=0.2)),
    "setup-postflow-short": (
        gtaw(postflow_s=10, current_a=135),
        gtaw(postflow_s=14, current_a=135),
    ),
    "setup-not-purged": (gtaw(purged=False), gtaw(purged=True)),
    "setup-arc-long": (arc(3.7), arc(3.6)),
    "setup-torch-drag": (gtaw(torch_angle_deg=-5), gtaw(torch_angle_deg=12)),
    "setup-torch-flat": (gtaw(torch_angle_deg=26), gtaw(torch_angle_deg=25)),
    "setup-gun-drag": (gmaw(torch_angle_deg=-10), gmaw(torch_angle_deg=12)),
    "setup-gun-upright": (gmaw(torch_angle_deg=4), gmaw(torch_angle_deg=5)),
    "setup-gun-flat": (gmaw(torch_angle_deg=26), gmaw(torch_angle_deg=25)),
    "setup-nozzle-near": (gmaw(nozzle_to_work_mm=7), gmaw(nozzle_to_work_mm=8)),
    "setup-nozzle-far": (gmaw(nozzle_to_work_mm=21), gmaw(nozzle_to_work_mm=20)),
    "setup-weave-wide": (gmaw(weave_mm=4.9), gmaw(weave_mm=4.8)),
    "setup-crater-open": (gtaw(crater_filled=False), gtaw(crater_filled=False, tabs=True)),
    "setup-no-tabs": (gtaw(tabs=False, joint="butt"), gtaw(tabs=False, joint="tee")),
    "setup-weave-past-nozzle": (gtaw(weave_mm=13.5), gtaw(weave_mm=13)),
    "setup-work-angle": (
        gtaw(joint="tee", work_angle_deg=60),
        gtaw(joint="tee", work_angle_deg=45),
    ),
    "setup-rolls-knurled": (feed(rolls="knurled"), feed(rolls="u_groove")),
    "setup-rolls-v": (feed(rolls="v_groove"), feed(rolls="u_groove")),
    "setup-liner-steel": (feed(liner="steel"), feed(liner="polymer")),
    "setup-tip-tight": (gmaw(contact_tip_bore_mm=1.31), gmaw(contact_tip_bore_mm=1.32)),
    "setup-tip-loose": (gmaw(contact_tip_bore_mm=1.39), gmaw(contact_tip_bore_mm=1.38)),
    "setup-push-thin-wire": (
        feed(feeder="push") | {"filler": rod(designation="4043", form="spool", diameter_mm=1.2)},
        feed(feeder="push", cable_m=3),
    ),
    "setup-spray-current-low": (sprayed(100), sprayed(120)),
    "setup-vertical-down": (gtaw(position="PG"), gtaw(position="PF")),
    "setup-helium-ac": (gtaw(shielding_gas="helium"), gtaw(shielding_gas="argon_helium")),
    "setup-helium-gmaw": (gmaw(shielding_gas="helium"), gmaw(shielding_gas="argon_helium")),
    "setup-helium-flow-low": (
        gtaw(shielding_gas="helium", gas_flow_l_min=7),
        gtaw(shielding_gas="helium", gas_flow_l_min=7.5),
    ),
    "setup-thick-plate": (thick(9), thick(8.9)),
    "setup-tungsten-pure-small": (pure(81), pure(80)),
    "setup-push-long-cable": (
        feed(feeder="push", cable_m=4) | {"filler": rod(form="spool", diameter_mm=1.6)},
        feed(feeder="push", cable_m=3.5) | {"filler": rod(form="spool", diameter_mm=1.6)},
    ),
    "setup-dip-transfer": (dip(2.1), dip(2)),
    "setup-preheat-high": (heated("5086", preheat_c=100), heated("6061", preheat_c=100)),
    "setup-preheat-temper": (heated("6061", preheat_c=111), heated("5086", preheat_c=111)),
    "setup-preheat-stop": (heated("6061", preheat_c=121.2), heated("6061", preheat_c=121.1)),
    "setup-interpass-high": (
        heated("6061", interpass_c=115),
        heated("5052", interpass_c=115),
    ),
    "setup-interpass-stop": (heated("5052", interpass_c=122), heated("5052", interpass_c=120)),
}
