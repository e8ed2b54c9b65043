"""Tests of what the sensor and the controller will see, and of the timing budget.

What the model is held against, and where (file::test; a source stands beside each check):

1. Eccentricity is asin(e/r): geometry to 1e-6, through element models within 1 per cent; an ideal wheel at even speed
   is exact to 1e-6 degrees.
   signal/test_edges.py::test_off_centre_is_off_by_asin_of_e_over_r
   signal/test_edges.py::test_off_centre_through_an_element_is_still_asin_of_e_over_r
   signal/test_sparks.py::test_an_ideal_wheel_at_even_speed_is_exact
2. A published trace of a V8 on the starter within 6 per cent.
   outside/test_signal_sources.py::test_a_measured_v8_s_greatest_speed_follows_from_its_least
3. Tables of the swings and dips at which decoders fail, within 0.01 of swing (one dip of 18 is not as it was).
   outside/test_signal_sources.py::test_swings_at_which_decoders_fail
   outside/test_signal_sources.py::test_dips_at_which_a_decoder_fails
4. The closed form is never above the scan, 36-1 and 60-2.
   outside/test_signal_sources.py::test_the_closed_form_is_never_above_the_scan
5. Carter's coefficient and the field opposite a deep slot within 1 per cent; flux is conserved.
   outside/test_signal_sources.py::test_carter_s_coefficient
   outside/test_signal_sources.py::test_field_opposite_a_deep_slot
   outside/test_signal_sources.py::test_flux_in_at_the_pole_goes_out_at_teeth_and_top
6. With its wires swapped a pickup's 36-1 and 60-2 do not decode; right way round they do.
   signal/test_view.py::test_the_gap_of_a_36_1_disappears_when_the_wires_are_swapped
   signal/test_view.py::test_the_gap_of_a_60_2_disappears_when_the_wires_are_swapped
7. A fixed Hall level's edge moves with the gap as finite differences have it, within 10 per cent; a self-setting one's
   by less than 0.05 degrees.
   outside/test_signal_sources.py::test_a_fixed_hall_element_s_edge_moves_with_the_gap
   outside/test_signal_sources.py::test_a_self_setting_element_s_edge_stays
   outside/test_signal_sources.py::test_plain_differences_find_the_same
8. JCGM 101's cases and the arcsine, by the same sampler.
   outside/test_adding_up.py::test_the_guides_additive_model
   outside/test_adding_up.py::test_a_sine_of_unknown_phase_is_an_arcsine
9. After the trim nothing changes, bit for bit, with any constant offset.
   signal/test_budget.py::test_the_trim_takes_every_offset_away_bit_for_bit
10. Odd fire has a map of its own; where the list of firings begins changes nothing; nor does a whole cycle more.
   signal/test_gapmap.py::test_odd_fire_has_a_map_of_its_own
   signal/test_gapmap.py::test_where_the_list_of_firings_begins_changes_nothing
   signal/test_gapmap.py::test_a_cycle_more_on_every_firing_changes_nothing
11. Weak teeth are lost at the slowest moment first.
   signal/test_weak.py::test_loss_begins_at_the_slowest_tooth
12. 200,000 wheels of a 60-2 in under 2 s and 1 GiB.
   bench/test_budget.py::test_two_hundred_thousand_wheels
13. Every assumption is printed, and without `level` there are no volts.
   signal/test_report.py::test_every_assumed_input_is_printed
   signal/test_report.py::test_removing_level_removes_every_volt
"""
