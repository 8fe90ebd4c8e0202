(function () {
  'use strict';
