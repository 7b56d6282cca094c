"""Breathing air and hoses against published limits."""

import pytest

from station.supply.limits import AirSample, air_faults, hose_burst_psig, hose_test_psig, hose_working_psig


class TestBreathingAir:
    def test_carbon_monoxide_over_20_ppm_fails_alone(self) -> None:
        """breathing_air_limits; 46 CFR 197.340(i)."""
        sample = AirSample(oxygen_percent=20.9, co2_ppm=900, co_ppm=21, oil_mg_m3=1)
        assert air_faults(sample) == ("carbon monoxide 21 ppm, over 20",)

    @pytest.mark.parametrize("oxygen", [20.0, 22.0])
    def test_the_limits_themselves_pass(self, oxygen: float) -> None:
        """46 CFR 197.340(i); oil from memory."""
        assert air_faults(AirSample(oxygen, 1000, 20, 5)) == ()

    @pytest.mark.parametrize(
        ("sample", "fault"),
        [
            (AirSample(19.9, 0, 0, 0), "oxygen 19.9 %"),
            (AirSample(22.1, 0, 0, 0), "oxygen 22.1 %"),
            (AirSample(21, 1001, 0, 0), "carbon dioxide 1001 ppm"),
            (AirSample(21, 0, 0, 5.1), "oil 5.1 mg/m3"),  # from memory
            (AirSample(21, 0, 0, 0, odour=True), "odour"),
        ],
    )
    def test_each_fault_is_named(self, sample: AirSample, fault: str) -> None:
        """46 CFR 197.340(i)."""
        (found,) = air_faults(sample)
        assert fault in found

    def test_all_faults_are_named_at_once(self) -> None:
        assert len(air_faults(AirSample(10, 2000, 30, 6, odour=True))) == 5


class TestHose:
    def test_hose_working_pressure(self) -> None:
        """46 CFR 197.312(a): depth pressure + 100 psi; burst at four times that."""
        assert hose_working_psig(130) == pytest.approx(157.85)
        assert hose_burst_psig(hose_working_psig(130)) == pytest.approx(631.4)

    def test_hose_test(self) -> None:
        """From memory: 29 CFR 1910.430(c)(1)(iii), 1.5 x working pressure."""
        assert hose_test_psig(200) == 300
